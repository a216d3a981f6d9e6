import{a as t}from"./part-Y3SU5E6L.js";var e=()=>({title:"Station",root:t("section",null,t("h1",null,"Station"))});export{e as make};
