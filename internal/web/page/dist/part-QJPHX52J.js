import{a as t}from"./part-Y3SU5E6L.js";var e=()=>({title:"Band",root:t("section",null,t("h1",null,"Band"))});export{e as make};
