import{a as t}from"./part-I4PDLQ2S.js";var e=()=>({title:"Band",root:t("section",null,t("h1",null,"Band"))});export{e as make};
